using System.Globalization;
using System.Reflection;
using System.Runtime.CompilerServices;

namespace Tonematch.Architecture.Tests;

/// <summary>The public members of an assembly as text: a line for each, whole and sorted, so that two changes rarely meet in one line.</summary>
internal static class ApiText
{
    private const BindingFlags Declared = BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    private static readonly Dictionary<Type, string> s_keywords = new()
    {
        [typeof(void)] = "void",
        [typeof(bool)] = "bool",
        [typeof(byte)] = "byte",
        [typeof(char)] = "char",
        [typeof(decimal)] = "decimal",
        [typeof(double)] = "double",
        [typeof(float)] = "float",
        [typeof(int)] = "int",
        [typeof(long)] = "long",
        [typeof(object)] = "object",
        [typeof(short)] = "short",
        [typeof(string)] = "string",
        [typeof(uint)] = "uint",
        [typeof(ulong)] = "ulong",
        [typeof(ushort)] = "ushort",
    };

    /// <summary>The text, lines ending in \n.</summary>
    public static string Of(Assembly assembly)
    {
        List<string> lines = [];
        foreach (Type type in assembly.GetExportedTypes().OrderBy(FullName, StringComparer.Ordinal))
        {
            lines.Add(Head(type));
            lines.AddRange(Members(type).Distinct().Order(StringComparer.Ordinal).Select(m => $"    {m}"));
        }

        return string.Join('\n', lines) + "\n";
    }

    private static string Head(Type type)
    {
        bool isRecord = type.GetMethod("<Clone>$", Declared) is not null || (type.IsValueType && type.GetMethod("PrintMembers", Declared) is not null);
        string kind = type.IsEnum ? "enum"
            : type.IsInterface ? "interface"
            : typeof(Delegate).IsAssignableFrom(type) ? "delegate"
            : type.IsValueType ? $"{(type.IsDefined(typeof(IsReadOnlyAttribute)) ? "readonly " : "")}{(isRecord ? "record struct" : "struct")}"
            : $"{(type is { IsAbstract: true, IsSealed: true } ? "static " : type.IsAbstract ? "abstract " : type.IsSealed ? "sealed " : "")}{(isRecord ? "record" : "class")}";
        string[] above =
        [
            .. type.BaseType is { } b && b != typeof(object) && b != typeof(ValueType) && b != typeof(Enum) ? [Name(b)] : (string[])[],
            .. type.GetInterfaces().Where(i => i.IsPublic && !(isRecord && i.IsGenericType && i.GetGenericTypeDefinition() == typeof(IEquatable<>)) && !type.IsEnum)
                .Select(Name).Order(StringComparer.Ordinal),
        ];
        return $"{kind} {FullName(type)}{(above.Length > 0 ? " : " + string.Join(", ", above) : "")}";
    }

    private static IEnumerable<string> Members(Type type)
    {
        NullabilityInfoContext nulls = new();
        if (type.IsEnum)
        {
            foreach (string name in Enum.GetNames(type))
            {
                yield return string.Create(CultureInfo.InvariantCulture, $"{name} = {Convert.ToInt64(Enum.Parse(type, name), CultureInfo.InvariantCulture)}");
            }

            yield break;
        }

        foreach (ConstructorInfo constructor in type.GetConstructors(Declared).Where(c => IsSeen(c) && !c.IsStatic && !IsCopy(c)))
        {
            yield return $"{Access(constructor)}{Short(type)}({Parameters(constructor, nulls)})";
        }

        foreach (PropertyInfo property in type.GetProperties(Declared).Where(p => IsSeen(p.GetMethod) || IsSeen(p.SetMethod)))
        {
            MethodInfo any = (property.GetMethod ?? property.SetMethod)!;
            bool isInit = property.SetMethod?.ReturnParameter.GetRequiredCustomModifiers().Contains(typeof(IsExternalInit)) == true;
            string indexed = property.GetIndexParameters().Length > 0 ? $"[{string.Join(", ", property.GetIndexParameters().Select(p => Name(p.ParameterType)))}]" : "";
            string required = property.IsDefined(typeof(RequiredMemberAttribute)) ? "required " : "";
            if (property.Name != "EqualityContract")
            {
                yield return $"{Access(any)}{Modifiers(any)}{required}{Nullable(Name(property.PropertyType), property.PropertyType, () => nulls.Create(property).ReadState)} {property.Name}{indexed} {{ {(IsSeen(property.GetMethod) ? "get; " : "")}{(IsSeen(property.SetMethod) ? isInit ? "init; " : "set; " : "")}}}";
            }
        }

        foreach (FieldInfo field in type.GetFields(Declared).Where(f => f.IsPublic || f.IsFamily))
        {
            yield return field.IsLiteral
                ? string.Create(CultureInfo.InvariantCulture, $"const {Name(field.FieldType)} {field.Name} = {Literal(field.GetRawConstantValue())}")
                : $"{(field.IsStatic ? "static " : "")}{(field.IsInitOnly ? "readonly " : "")}{Name(field.FieldType)} {field.Name}";
        }

        // What the compiler makes for every record says nothing.
        foreach (MethodInfo method in type.GetMethods(Declared).Where(m => IsSeen(m) && !m.IsDefined(typeof(CompilerGeneratedAttribute))))
        {
            if (!method.IsSpecialName || method.Name.StartsWith("op_", StringComparison.Ordinal))
            {
                string generic = method.IsGenericMethod ? $"<{string.Join(", ", method.GetGenericArguments().Select(a => a.Name))}>" : "";
                yield return $"{Access(method)}{Modifiers(method)}{Nullable(Name(method.ReturnType), method.ReturnType, () => nulls.Create(method.ReturnParameter).ReadState)} {method.Name}{generic}({Parameters(method, nulls)})";
            }
        }
    }

    private static bool IsSeen(MethodBase? method) => method is { IsPublic: true } or { IsFamily: true } or { IsFamilyOrAssembly: true };

    private static bool IsCopy(ConstructorInfo constructor) =>
        !constructor.IsPublic && constructor.GetParameters() is [var only] && only.ParameterType == constructor.DeclaringType;

    private static string Access(MethodBase method) => method.IsPublic ? "" : "protected ";

    private static string Modifiers(MethodInfo method) =>
        method.IsStatic ? method.IsAbstract ? "static abstract " : "static "
        : method.DeclaringType!.IsInterface ? ""
        : method.IsAbstract ? "abstract "
        : method.IsVirtual && !method.IsFinal ? method.GetBaseDefinition() == method ? "virtual " : "override "
        : "";

    private static string Parameters(MethodBase method, NullabilityInfoContext nulls) =>
        string.Join(", ", method.GetParameters().Select(p =>
        {
            string how = p.IsOut ? "out " : p.ParameterType.IsByRef ? p.IsIn ? "in " : "ref " : p.IsDefined(typeof(ParamArrayAttribute)) ? "params " : "";
            Type type = p.ParameterType.IsByRef ? p.ParameterType.GetElementType()! : p.ParameterType;
            return $"{how}{Nullable(Name(type), type, () => nulls.Create(p).WriteState)} {p.Name}{(p.HasDefaultValue ? $" = {Literal(p.RawDefaultValue)}" : "")}";
        }));

    private static string Nullable(string name, Type type, Func<NullabilityState> state) =>
        !type.IsValueType && state() == NullabilityState.Nullable ? name + "?" : name;

    private static string Literal(object? value) => value switch
    {
        null => "null",
        string s => $"\"{s}\"",
        bool b => b ? "true" : "false",
        IFormattable f => f.ToString(null, CultureInfo.InvariantCulture),
        _ => value.ToString()!,
    };

    private static string FullName(Type type) => type.DeclaringType is { } outer ? $"{FullName(outer)}.{Short(type)}" : $"{type.Namespace}.{Short(type)}";

    private static string Short(Type type)
    {
        Type[] own = [.. type.GetGenericArguments().Skip(type.DeclaringType?.GetGenericArguments().Length ?? 0)];
        string name = type.Name.Split('`')[0];
        return own.Length > 0 ? $"{name}<{string.Join(", ", own.Select(a => Name(a)))}>" : name;
    }

    private static string Name(Type type)
    {
        if (s_keywords.TryGetValue(type, out string? keyword))
        {
            return keyword;
        }

        if (System.Nullable.GetUnderlyingType(type) is { } underlying)
        {
            return Name(underlying) + "?";
        }

        if (type.IsArray)
        {
            return $"{Name(type.GetElementType()!)}[{new string(',', type.GetArrayRank() - 1)}]";
        }

        return type.IsByRef ? "ref " + Name(type.GetElementType()!)
            : type.IsGenericParameter ? type.Name
            : type.FullName?.StartsWith("System.ValueTuple`", StringComparison.Ordinal) == true ? $"({string.Join(", ", type.GetGenericArguments().Select(Name))})"
            : type.IsNested ? $"{Short(type.DeclaringType!)}.{Short(type)}"
            : Short(type);
    }
}
